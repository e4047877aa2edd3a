package fallaway

import java.io.ByteArrayOutputStream
import java.io.IOException
import java.io.InputStream
import java.net.HttpURLConnection
import java.net.ProtocolException
import java.net.SocketTimeoutException
import java.net.URL
import javax.net.ssl.HttpsURLConnection
import javax.net.ssl.SSLException
import javax.net.ssl.SSLSocketFactory

/**
 * Carries requests to relays by [HttpURLConnection], which computers and Android have both: certificates,
 * proxies and, on Android, the app's network security configuration are the platform's.
 *
 * On Android the app needs the permission `android.permission.INTERNET`, and a call must not be made on the
 * main thread.
 *
 * @property sockets Makes the TLS connections, for a relay with a certificate of the app's own; `null` for
 *   the platform's usual ones.
 */
public class UrlConnectionTransport(public val sockets: SSLSocketFactory? = null) : HttpTransport {
    /**
     * Sends one request and waits for its answer; called by the library. The time of a request counts from
     * one piece of the answer to the next.
     *
     * @throws TransportException if no answer came.
     */
    override fun send(request: HttpRequest): HttpResponse = try {
        // URI.create(..).toURL() would refuse what it takes for another scheme by an exception of its own.
        @Suppress("DEPRECATION")
        val connection = URL(request.url).openConnection() as HttpURLConnection
        prepared(connection, request)
        answerOf(connection, request)
    } catch (e: SSLException) {
        throw TransportException.Untrusted(said(e))
    } catch (e: SocketTimeoutException) {
        throw TransportException.Slow(said(e))
    } catch (e: ProtocolException) {
        throw TransportException.Garbage(said(e))
    } catch (e: IOException) {
        throw TransportException.Offline(said(e))
    }

    private fun prepared(connection: HttpURLConnection, request: HttpRequest) {
        val timeout = request.timeoutS.toInt() * 1_000
        connection.requestMethod = request.method
        connection.connectTimeout = timeout
        connection.readTimeout = timeout
        connection.instanceFollowRedirects = false
        connection.useCaches = false
        if (connection is HttpsURLConnection && sockets != null) connection.sslSocketFactory = sockets
        for (header in request.headers) connection.setRequestProperty(header.name, header.value)
        if (request.method == "POST" || request.method == "PUT") {
            connection.doOutput = true
            connection.outputStream.use { it.write(request.body) }
        }
    }

    private fun answerOf(connection: HttpURLConnection, request: HttpRequest): HttpResponse {
        val status = connection.responseCode
        if (status < 100) throw TransportException.Garbage("the answer is not HTTP")
        val stream = if (status < 400) connection.inputStream else connection.errorStream
        val body = stream?.use { readUpTo(it, request.maxBody.toInt()) } ?: ByteArray(0)
        // The status line stands among them, under no name.
        val headers = connection.headerFields.filterKeys { it != null }.flatMap { (name, values) ->
            values.map { HttpHeader(name, it) }
        }
        return HttpResponse(status.toUInt(), headers, body)
    }

    private fun readUpTo(stream: InputStream, most: Int): ByteArray {
        val read = ByteArrayOutputStream()
        val piece = ByteArray(16_384)
        while (true) {
            val count = stream.read(piece)
            if (count < 0) return read.toByteArray()
            if (read.size() + count > most) throw TransportException.Garbage("the answer is too long")
            read.write(piece, 0, count)
        }
    }

    /** The kind of a failure and not its words, which may hold the address. */
    private fun said(e: IOException): String = e.javaClass.simpleName
}
