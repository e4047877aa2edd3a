package fallaway.app.android

import android.content.BroadcastReceiver
import android.content.Context
import android.content.Intent
import android.content.IntentFilter
import android.content.pm.ActivityInfo
import android.net.Uri
import android.os.Bundle
import android.view.WindowManager
import androidx.activity.ComponentActivity
import androidx.activity.compose.BackHandler
import androidx.activity.compose.setContent
import androidx.activity.result.contract.ActivityResultContracts.GetContent
import androidx.activity.result.contract.ActivityResultContracts.OpenDocument
import androidx.activity.result.contract.ActivityResultContracts.StartActivityForResult
import androidx.activity.result.contract.ActivityResultContracts.TakePicturePreview
import androidx.activity.viewModels
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.collectAsState
import androidx.compose.runtime.getValue
import fallaway.app.Effect
import fallaway.app.view.Designed
import fallaway.app.view.ScreenView

/** The one activity: shows what the model says, and does for it what only Android can. */
class MainActivity : ComponentActivity() {
    private val model: PhoneModel by viewModels { PhoneModel.factory }
    private val choose = registerForActivityResult(OpenDocument()) { it?.let(::take) }
    private val picture = registerForActivityResult(TakePicturePreview()) { taken -> taken?.let(::codeIn)?.let(model::scanned) }
    private val photo = registerForActivityResult(GetContent()) { from ->
        from?.let { contentResolver.openInputStream(it) }?.use { model.photographed(it.readBytes()) }
    }
    private val share = registerForActivityResult(StartActivityForResult()) { model.handedOver() }

    /** What is said of today, or is due, is another thing after midnight. */
    private val anotherDay = object : BroadcastReceiver() {
        override fun onReceive(context: Context, intent: Intent) = model.changed()
    }

    override fun onCreate(savedInstanceState: Bundle?) {
        super.onCreate(savedInstanceState)
        setContent {
            val shown by model.shown.collectAsState()
            BackHandler(shown.deeper) { model.tap("back") }
            LaunchedEffect(shown.look) {
                requestedOrientation =
                    if (shown.look.locked) ActivityInfo.SCREEN_ORIENTATION_PORTRAIT else ActivityInfo.SCREEN_ORIENTATION_UNSPECIFIED
                val awake = WindowManager.LayoutParams.FLAG_KEEP_SCREEN_ON
                if (shown.look.awake) window.addFlags(awake) else window.clearFlags(awake)
            }
            LaunchedEffect(shown) { shown.effects.forEach(::effect) }
            Designed(shown.look) { ScreenView(shown, model::tap, model::type, model::tapInList) }
        }
        if (savedInstanceState == null) take(intent)
    }

    override fun onNewIntent(intent: Intent) {
        super.onNewIntent(intent)
        take(intent)
    }

    override fun onStart() {
        super.onStart()
        model.changed()
        registerReceiver(anotherDay, DAYS)
    }

    override fun onStop() {
        super.onStop()
        unregisterReceiver(anotherDay)
        (application as FallawayApp).pause()
    }

    private fun effect(effect: Effect) {
        when (effect) {
            is Effect.Share -> {
                val send = Intent(Intent.ACTION_SEND).setType(Handing.type(effect.name))
                    .putExtra(Intent.EXTRA_STREAM, Handing.lay(this, effect.name, effect.bytes))
                    .addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
                share.launch(Intent.createChooser(send, null))
            }
            Effect.ChooseFile -> choose.launch(arrayOf(Handing.TYPE, "*/*"))
            Effect.ChoosePhoto -> photo.launch("image/*")
            Effect.Scan -> picture.launch(null)
            is Effect.Apart -> Unit
        }
    }

    private fun take(intent: Intent?) {
        val from = when (intent?.action) {
            Intent.ACTION_SEND -> @Suppress("DEPRECATION") intent.getParcelableExtra<Uri>(Intent.EXTRA_STREAM)
            Intent.ACTION_VIEW -> intent.data
            else -> null
        }
        from?.let(::take)
    }

    private fun take(from: Uri) {
        contentResolver.openInputStream(from)?.use { model.receive(it.readBytes()) }
    }

    private companion object {
        /** The system says when the day changes, or somebody sets the clock. */
        val DAYS = IntentFilter(Intent.ACTION_DATE_CHANGED).apply {
            addAction(Intent.ACTION_TIME_CHANGED)
            addAction(Intent.ACTION_TIMEZONE_CHANGED)
        }
    }
}
