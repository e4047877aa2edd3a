package fallaway.app.android

import android.app.job.JobInfo
import android.app.job.JobParameters
import android.app.job.JobScheduler
import android.app.job.JobService
import android.content.ComponentName
import android.content.Context

/** Exchanges with the relays as soon as there is a network, while nothing of the app is seen. */
class Exchanging : JobService() {
    override fun onStartJob(job: JobParameters?): Boolean {
        val app = application as FallawayApp
        app.apart.execute {
            val again = !app.exchange()
            job?.let { jobFinished(it, again) }
        }
        return true
    }

    /** The system took the time back: it asks again. What was exchanged until then is kept. */
    override fun onStopJob(job: JobParameters?) = true

    companion object {
        private const val NUMBER = 1

        /** Asks the system to run it once there is a network; asked again before that, it runs once. */
        fun ask(context: Context) {
            val job = JobInfo.Builder(NUMBER, ComponentName(context, Exchanging::class.java))
                .setRequiredNetworkType(JobInfo.NETWORK_TYPE_ANY).build()
            context.getSystemService(JobScheduler::class.java).schedule(job)
        }
    }
}
